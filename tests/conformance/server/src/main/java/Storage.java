import ca.uhn.fhir.batch2.jobs.config.Batch2JobsConfig;
import ca.uhn.fhir.context.FhirContext;
import ca.uhn.fhir.jpa.api.config.JpaStorageSettings;
import ca.uhn.fhir.jpa.api.config.ThreadPoolFactoryConfig;
import ca.uhn.fhir.jpa.batch2.JpaBatch2Config;
import ca.uhn.fhir.jpa.config.HapiJpaConfig;
import ca.uhn.fhir.jpa.config.util.HapiEntityManagerFactoryUtil;
import ca.uhn.fhir.jpa.model.config.PartitionSettings;
import ca.uhn.fhir.jpa.model.config.SubscriptionSettings;
import ca.uhn.fhir.jpa.model.dialect.HapiFhirH2Dialect;
import ca.uhn.fhir.jpa.search.HapiHSearchAnalysisConfigurers;
import ca.uhn.fhir.jpa.subscription.channel.config.SubscriptionChannelConfig;
import jakarta.persistence.EntityManagerFactory;
import java.util.Map;
import java.util.Properties;
import javax.sql.DataSource;
import org.apache.commons.dbcp2.BasicDataSource;
import org.springframework.beans.factory.config.ConfigurableListableBeanFactory;
import org.springframework.context.annotation.Bean;
import org.springframework.context.annotation.Configuration;
import org.springframework.context.annotation.Import;
import org.springframework.context.annotation.Primary;
import org.springframework.orm.jpa.JpaTransactionManager;
import org.springframework.orm.jpa.LocalContainerEntityManagerFactoryBean;

/** The database and what the server does with it. */
@Configuration
@Import({
    HapiJpaConfig.class,
    JpaBatch2Config.class,
    Batch2JobsConfig.class,
    // The queue inside the process that background jobs need.
    SubscriptionChannelConfig.class,
    ThreadPoolFactoryConfig.class
})
class Storage {
    @Bean(destroyMethod = "close")
    BasicDataSource dataSource(Database database) {
        var source = new BasicDataSource();
        source.setDriver(new org.h2.Driver());
        source.setUrl(database.url());
        source.setUsername("sa");
        source.setPassword("");
        source.setMaxTotal(20);
        return source;
    }

    @Bean
    JpaStorageSettings storageSettings() {
        var settings = new JpaStorageSettings();
        settings.setAllowExternalReferences(true);
        settings.setEnforceReferentialIntegrityOnWrite(true);
        // A search always sees the last write.
        settings.setReuseCachedSearchResultsForMillis(null);
        // A value set is expanded when it is asked for, and a code system is known as soon as it is stored: no job of
        // the background has to be waited for.
        settings.setPreExpandValueSets(false);
        settings.setDeferIndexingForCodesystemsOfSize(5000);
        settings.setHibernateSearchIndexFullText(false);
        return settings;
    }

    @Bean
    PartitionSettings partitionSettings() {
        return new PartitionSettings();
    }

    @Bean
    SubscriptionSettings subscriptionSettings() {
        return new SubscriptionSettings();
    }

    @Bean
    LocalContainerEntityManagerFactoryBean entityManagerFactory(
            ConfigurableListableBeanFactory beans,
            FhirContext context,
            JpaStorageSettings settings,
            DataSource source) {
        var factory = HapiEntityManagerFactoryUtil.newEntityManagerFactory(beans, context, settings);
        factory.setPersistenceUnitName("HAPI_PU");
        factory.setDataSource(source);
        var properties = new Properties();
        properties.putAll(Map.of(
                "hibernate.dialect", HapiFhirH2Dialect.class.getName(),
                "hibernate.hbm2ddl.auto", "update",
                "hibernate.jdbc.batch_size", "20",
                "hibernate.cache.use_query_cache", "false",
                "hibernate.cache.use_second_level_cache", "false",
                // Expanding a stored value set goes through this index, for which the heap is large enough.
                "hibernate.search.backend.type", "lucene",
                "hibernate.search.backend.analysis.configurer",
                        HapiHSearchAnalysisConfigurers.HapiLuceneAnalysisConfigurer.class.getName(),
                "hibernate.search.backend.directory.type", "local-heap",
                "hibernate.search.backend.lucene_version", "LUCENE_CURRENT"));
        factory.setJpaProperties(properties);
        return factory;
    }

    @Bean
    @Primary
    JpaTransactionManager transactionManager(EntityManagerFactory factory) {
        return new JpaTransactionManager(factory);
    }
}
